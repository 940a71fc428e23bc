# The server alone; the database and the proxy are services of docker-compose.yml.
FROM node:24.11.1-bookworm-slim
WORKDIR /srv/rimplane
ENV NODE_ENV=production WEB_BUILD=off
COPY package.json package-lock.json ./
RUN npm ci --omit=dev
COPY tsconfig.json ./
COPY core core
COPY shared shared
COPY migrations migrations
COPY server server
COPY web web
# The folder of uploads is made here, so that a volume put over it belongs to the server's user.
RUN npm run build && mkdir /data && chown node:node /data
USER node
VOLUME /data
EXPOSE 4150
CMD ["npm", "start", "--silent"]
